import{a as t}from"./part-Y3SU5E6L.js";var e=()=>({title:"Day",root:t("section",null,t("h1",null,"Day"))});export{e as make};
