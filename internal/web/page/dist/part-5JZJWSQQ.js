import{a as t}from"./part-I4PDLQ2S.js";var o=()=>({title:"Chart",root:t("section",null,t("h1",null,"Chart"))});export{o as make};
