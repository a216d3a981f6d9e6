import{a as t}from"./part-I4PDLQ2S.js";var r=()=>({title:"Alerts",root:t("section",null,t("h1",null,"Alerts"))});export{r as make};
